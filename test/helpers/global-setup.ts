/** Nothing to set up yet: a database for the tests comes with db/. */
export default function setup(): void {}
