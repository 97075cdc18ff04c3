"""What can be done with the program, whoever asks: pages, API and command line all call these."""
