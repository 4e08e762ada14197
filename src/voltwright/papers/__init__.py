"""Papers of a build: its dossier as printed documents and drawings."""
