"""A bench: sliders on one side, the flight that they give on the other, served to a browser on this computer."""
