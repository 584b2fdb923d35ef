"""Search of named parameters under demands."""
