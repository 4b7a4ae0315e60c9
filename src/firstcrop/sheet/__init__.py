"""The sheet: Markdown to a Preparation and back. No data and no physics."""
