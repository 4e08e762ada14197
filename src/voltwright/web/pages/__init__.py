"""The pages, written with NiceGUI: they show what the use cases hand out and ask them for what is done."""
