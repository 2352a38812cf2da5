"""survey_io."""
