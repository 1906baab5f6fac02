#!/usr/bin/env node
// The launcher: builds dist/ with tsc when it is missing or older than the sources, then runs it.
// It is the only JavaScript source, because Node 20 cannot run TypeScript by itself.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync, statSync, utimesSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
const dist = path.join(root, 'dist');
const stamp = path.join(dist, '.built');

function newestSource() {
  let newest = 0;
  for (const top of ['server', 'views', 'db', 'tsconfig.json']) {
    const entry = path.join(root, top);
    if (!existsSync(entry)) continue;
    const files = statSync(entry).isDirectory()
      ? readdirSync(entry, { recursive: true, encoding: 'utf8' }).map((f) => path.join(entry, f))
      : [entry];
    for (const file of files) if (/\.(ts|tsx|json)$/.test(file)) newest = Math.max(newest, statSync(file).mtimeMs);
  }
  return newest;
}

function compiler() {
  try {
    return createRequire(path.join(root, 'package.json')).resolve('typescript/package.json');
  } catch {
    return null;
  }
}

function build() {
  const packageFile = compiler();
  if (!packageFile) {
    console.error('Lanewise is not built, and the compiler is not installed. Run "npm ci" in its folder first.');
    process.exit(1);
  }
  // Built beside dist/ and then swapped in, so that a process starting or running meanwhile never sees half a build.
  const out = path.join(root, `dist.${process.pid}.tmp`);
  try {
    mkdirSync(out);
  } catch (error) {
    console.error(`Lanewise is not built, and ${root} may not be written to (${error.code}).`);
    console.error('Run "npx lanewise help" there once as its owner.');
    process.exit(1);
  }
  const started = new Date();
  const tsc = path.join(path.dirname(packageFile), 'bin', 'tsc');
  const options = [tsc, '-p', path.join(root, 'tsconfig.json'), '--outDir', out];
  const run = spawnSync(process.execPath, options, { cwd: root, encoding: 'utf8' });
  if (run.status !== 0) {
    rmSync(out, { recursive: true, force: true });
    console.error(`Lanewise could not be built.\n${run.stdout}${run.stderr}`);
    process.exit(1);
  }
  writeFileSync(path.join(out, '.built'), '');
  utimesSync(path.join(out, '.built'), started, started);
  const old = path.join(root, `dist.${process.pid}.old`);
  try {
    // Another start may have been quicker: its build is as new as ours, and it runs from there already.
    if (!isBuilt()) {
      if (existsSync(dist)) renameSync(dist, old);
      renameSync(out, dist);
    }
  } catch {
    // It was quicker by a hair.
  }
  removeLeftovers();
}

/** Removes what this build leaves behind, and what builds left that were killed. */
function removeLeftovers() {
  for (const name of readdirSync(root)) {
    const pid = Number(/^dist\.(\d+)\.(tmp|old)$/.exec(name)?.[1] ?? Number.NaN);
    if (Number.isNaN(pid) || (pid !== process.pid && isAlive(pid))) continue;
    rmSync(path.join(root, name), { recursive: true, force: true });
  }
}

function isAlive(pid) {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return error.code === 'EPERM';
  }
}

const isBuilt = () => existsSync(stamp) && statSync(stamp).mtimeMs >= newestSource();

// Whoever reads an answer may have read enough, as `head` has: that is no failure.
process.stdout.on('error', (error) => {
  if (error.code !== 'EPIPE') throw error;
});

if (!isBuilt()) build();
const { run } = await import(pathToFileURL(path.join(root, 'dist/server/cli/run.js')).href);
process.exitCode = await run(process.argv.slice(2));
