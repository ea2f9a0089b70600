"""Soil warmth, emergence, thermal time and insect flights: arrays in, arrays out, no clock, no database."""
