"""From paths to analysed tracks: files found, heard, remembered, corrections applied."""
