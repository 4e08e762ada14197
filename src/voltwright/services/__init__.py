"""The use cases that every face of Voltwright shares: assess a build, write its papers, look at the shelf."""
