import { z } from 'zod';
import { integerField, nameField, zoneField } from '../shared/fields.ts';

const code = z.string().trim().default('');

export const setupSchema = z.object({
  code,
  clubName: nameField(60),
  zone: zoneField,
  trackName: nameField(60),
  lanes: integerField(1, 16),
});

export const sampleSchema = z.object({ code });

export const clubSchema = z.object({ name: nameField(60), zone: zoneField });
