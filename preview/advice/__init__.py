"""What is better changed before the steel is gone: each fault that costs steel, and the job that mends it."""
