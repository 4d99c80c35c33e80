"""The door of pages that are shared: who is there, what they may do, and what every act needs."""

ROLES_VARIABLE = "CORESET_ROLES"
"""Environment variable with the file of roles; set by a server that shares its pages, and only then."""
