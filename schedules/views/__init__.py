"""The pages that gather from all rooms: the week, a plot, the letters."""
