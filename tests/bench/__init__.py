"""Speed, as ratios measured within one run. Never part of the tests: a clock is not an assertion."""
