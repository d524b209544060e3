"""The commands as they are declared: options and help, one small file a command."""
