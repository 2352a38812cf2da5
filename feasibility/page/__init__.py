"""The survey as a page in a browser, served from the surveyor's own machine."""
