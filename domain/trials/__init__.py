"""What test pieces taught the shop: trials, the fit worked backwards from them, and the machine's own errors."""
