"""Charts of the line: multiple-activity chart, rates, stations, vacuum."""
