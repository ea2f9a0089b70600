"""An invented society, laid out so that it looks alive on any day of the year."""
