"""The door of pages that are shared: who is there, what they may do, and what every act needs."""
