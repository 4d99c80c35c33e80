"""Time study: clock, readings, statistics, standard times."""
