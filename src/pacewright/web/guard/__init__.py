"""What every request passes before a page sees it, and every answer before it leaves."""
