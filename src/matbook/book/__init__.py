"""The book: what people observed and decided, entry by entry, never changed."""
