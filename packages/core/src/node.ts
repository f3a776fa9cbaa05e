/** The second entry, for Node only: reading from disk and working in threads. */
export {};
