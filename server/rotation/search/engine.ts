/**
 * Name and version of the search. Raise the version with every change by which the same request may give another
 * rotation: draws that were kept say which engine made them.
 */
export const searchEngine = 'rotation 2';
