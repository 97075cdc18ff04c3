"""Setting out: where every line, slot and groove comes on a piece, seen square on; pure."""
