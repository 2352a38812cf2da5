"""Renderings of one assessment: text, JSON, HTML and PDF. They lay out and decide nothing."""
