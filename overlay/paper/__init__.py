"""Pages to print, made with typst from templates beside this file; a class goes in as data."""
