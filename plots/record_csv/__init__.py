"""Old records of the ground, as people send them: read with every fault named, and written the same way.

Pure: no Django, no clock, no files.
"""

from plots.record_csv.places import Place, read_place
from plots.record_csv.reading import MAX_BYTES, read_record
from plots.record_csv.rows import Moment, RecordFile, RecordRow, What, Where
from plots.record_csv.writing import write_record

__all__ = [
    "MAX_BYTES",
    "Moment",
    "Place",
    "RecordFile",
    "RecordRow",
    "What",
    "Where",
    "read_place",
    "read_record",
    "write_record",
]
