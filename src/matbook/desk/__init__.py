"""The desk: what needs the person now, and what each question's standing answer is."""
