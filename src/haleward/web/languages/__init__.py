"""Languages of a service: which translations were reviewed here, and which one a person's pages are shown in."""
