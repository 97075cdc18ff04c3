"""The program around the trade: settings, store, use cases, pages, api, command line."""
