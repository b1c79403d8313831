"""What every room shares: places in files, three-valued truth, ranges, gaps, diagnostics. Standard library only."""
