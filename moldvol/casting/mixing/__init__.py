"""The mixing room: a recipe, its pots and its errors, for whatever is weighed and stirred."""
