"""The trade's quantities: rates, labels, durations, spans, levels, rasters, colours. No I/O."""
