"""Server, guarded routes, sign-in, the calculation thread and the open case: no layout."""
