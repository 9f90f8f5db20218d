"""Beeps to samples: built in numpy at absolute sample positions."""
