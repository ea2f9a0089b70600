"""The rules, one module for each group of jobs. Each returns drafts; none knows of order or of the record."""
