"""What the committee writes into the book, page by page."""
