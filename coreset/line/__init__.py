"""Method steps -> mold cycle -> molds per hour; what a saved second gains; whether the setter holds the cores."""
