"""The commands: read options, call one function, print, exit."""
