sources nonsense
