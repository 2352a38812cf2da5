"""A whole year of quarter-hours: what the site leaves to the station, hour by hour.

``record`` holds the results, ``series`` the demand of each quarter-hour, ``study`` the answers.
"""
