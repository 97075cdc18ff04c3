"""The revisions, oldest first. A revision that has been released is never edited again."""
