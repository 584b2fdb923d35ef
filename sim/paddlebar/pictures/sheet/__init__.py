"""The build sheet of a craft and the form to weigh and measure it by: pages of A4, every place on them in mm of paper."""
