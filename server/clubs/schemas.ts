import { z } from 'zod';
import { clubs } from '../../views/texts/en/clubs.ts';
import { integerField, nameField, zoneField } from '../shared/fields.ts';

const code = z.string().trim().default('');

export const setupSchema = z.object({
  code,
  clubName: nameField(60, clubs.setup.clubNameMissing),
  zone: zoneField,
  trackName: nameField(60, clubs.setup.trackNameMissing),
  lanes: integerField(1, 16),
});

/** `zone`: the browser's, which has one where it runs scripts; null for none. */
export const sampleSchema = z.object({ code, zone: zoneField.nullable().catch(null) });

export const clubSchema = z.object({ name: nameField(60), zone: zoneField });
