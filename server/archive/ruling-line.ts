import { type Decision, type Ruling, type RulingKind, rulingKinds } from '../heats/facts.ts';
import type { JsonObject, JsonValue } from '../shared/json-reader.ts';
import { anything, integer, objectOf, oneOf, text, valueOf } from './fields.ts';

const common = {
  type: anything,
  heat: text,
  n: integer,
  kind: oneOf(rulingKinds),
  target: anything,
  why: text,
  by: text,
  at_us: integer,
};
const withoutValue = objectOf(common);
const withValue = objectOf({ ...common, value: anything });

const crossing = objectOf({ device: text, boot: text, seq: integer });
const lane = objectOf({ lane: integer });
const entry = objectOf({ entry: text });
const nothing = objectOf({});
const ruling = objectOf({ n: integer });
const extent = oneOf(['heat', 'race']);

const valueless: readonly RulingKind[] = ['retire', 'void', 'undo'];

/**
 * Reads the form of a ruling line: the kinds of target and value that its kind of ruling has.
 *
 * @throws LineError
 */
export function readRulingLine(line: JsonObject): { heat: string; value: Ruling } {
  const kind = valueOf(line, 'kind', common.kind);
  const fields = valueless.includes(kind) ? { ...withoutValue(line, ''), value: null } : withValue(line, '');
  const { heat, n, why, by, at_us: atUs } = fields;
  return { heat, value: { n, ...readDecision(kind, fields.target, fields.value), why, by, atUs } };
}

function readDecision(kind: RulingKind, target: JsonValue, value: JsonValue): Decision {
  switch (kind) {
    case 'judge':
    case 'move':
      return { kind, target: crossing(target, 'target'), value: integer(value, 'value') };
    case 'adjust':
      return { kind, target: laneOrEntry(target), value: integer(value, 'value') };
    case 'total':
    case 'part':
      return { kind, target: lane(target, 'target'), value: integer(value, 'value') };
    case 'retire':
      return { kind, target: lane(target, 'target') };
    case 'exclude':
      return { kind, target: entry(target, 'target'), value: extent(value, 'value') };
    case 'void':
      return { kind, target: nothing(target, 'target') };
    case 'undo':
      return { kind, target: ruling(target, 'target') };
  }
}

function laneOrEntry(target: JsonValue): { lane: number } | { entry: string } {
  const isEntry = target instanceof Map && target.has('entry');
  return isEntry ? entry(target, 'target') : lane(target, 'target');
}
