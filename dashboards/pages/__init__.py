"""Pages, one a question: what each says and shows of a day over what was chosen of it."""
