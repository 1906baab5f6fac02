export * from './accounts.ts';
export * from './clubs.ts';
export * from './drivers.ts';
export * from './heats.ts';
export * from './meetings.ts';
export * from './rotation.ts';
export * from './timing.ts';
export * from './tracks.ts';
