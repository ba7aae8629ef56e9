"""One evening under somebody's hands: edits, undo, the journal, candidates, figures."""
