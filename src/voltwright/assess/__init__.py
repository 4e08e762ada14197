"""Works out the figures of a build, one file a question; nothing is judged here."""
