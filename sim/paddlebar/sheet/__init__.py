"""The craft on paper, in millimetres: build sheet, form to measure by."""
