"""Lifts and pace -> recommended weight limit, lifting index, composite and variable indices, redesign."""
