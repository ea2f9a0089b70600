"""Asking a forecast service for a site's coming hours.

``service`` is what is agreed with it, ``client`` asks over the network, ``reading`` and ``days`` are pure:
an answer's bytes to steps, steps to local days. ``pauses`` says when to ask again.
"""
