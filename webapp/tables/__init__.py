"""A project's figures for other programs: tables as spreadsheets and as plain text."""
