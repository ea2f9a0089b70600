"""What the flags of GHCN-Daily mean.

Source: NOAA National Centers for Environmental Information, Global Historical Climatology Network - Daily,
readme.txt, section III (MFLAG1, QFLAG1). Not read itself: the letters and their meanings are as code and
pages that quote the readme have them (D to X word for word; L, W and Z from tables after it; P from USHCN's
data_format.txt, which shares the flags).
"""

QUALITY = {
    "D": "failed the duplicate check",
    "G": "failed the gap check",
    "I": "failed the check of internal consistency",
    "K": "failed the check of streaks and frequent values",
    "L": "failed the check on the length of a multiday period",
    "M": "failed the megaconsistency check",
    "N": "failed the naught check",
    "O": "failed the check for climatological outliers",
    "R": "failed the check of the lagged range",
    "S": "failed the check of spatial consistency",
    "T": "failed the check of temporal consistency",
    "W": "is too warm for snow",
    "X": "failed the bounds check",
    "Z": "was flagged by hand in the error reports (Datzilla)",
}
UNKNOWN_FLAG = "carries a flag that the readme does not know"
# Measurement flag of a total that was missing in the source and taken there to be nothing.
PRESUMED_ZERO = "P"
