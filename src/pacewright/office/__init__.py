"""One function a decision; alone opens files."""
