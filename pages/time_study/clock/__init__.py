"""The clock of the front: its browser part, the routes it speaks to, and what guards them."""
