"""What parts really need and how long they last, learned from the record; it feeds every engine."""
