"""What goes to the deck: the book of lines that sheets share, the files, songs with calls."""
