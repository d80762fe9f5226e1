"""Records to text or bytes, one file a format; nothing here opens a file."""
