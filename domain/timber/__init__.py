"""What parts are made of: solid wood or sheets, and what that means for them."""
