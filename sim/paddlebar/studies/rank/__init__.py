"""Which change of a craft matters most."""
