"""Published laws, one a file, named property_author_year: SI in and out."""
