"""Tests of the pages; a package, so that what is started for all of them ends with the last of them."""
