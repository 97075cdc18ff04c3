"""From a takeoff to what is asked of the customer: materials, work, margin, tax, and the lines of the quote."""
