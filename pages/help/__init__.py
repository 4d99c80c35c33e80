"""Help: guide, glossary, sources."""
