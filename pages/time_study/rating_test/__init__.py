"""The rater's check as a component: known paces shown as a walk or a deal of cards, a rating taken for each."""
