"""Charts of studies, standards, standard data and rating tests."""
