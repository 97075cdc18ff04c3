"""Domain results in the trade's words: what every face says, said once. No request, no store."""
