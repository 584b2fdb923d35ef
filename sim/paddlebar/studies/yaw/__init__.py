"""Which pulleys and which tail keep the body from spinning."""
