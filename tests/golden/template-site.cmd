template site
