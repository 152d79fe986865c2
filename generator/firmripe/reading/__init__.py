"""Files in, one Holding out; every problem of the run is collected on the way."""
