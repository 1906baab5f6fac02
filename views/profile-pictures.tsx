import type { ComponentChildren } from 'preact';
import type { PicturesData } from '../server/profiles/pictures.ts';
import { BrakePicture } from './profile-brake.tsx';
import { SlopePicture } from './profile-slope.tsx';
import { type PictureNames, ThrottlePicture } from './profile-throttle.tsx';
import { StepPicture, TracePicture } from './profile-time.tsx';
import { profilePictures as t } from './texts/en/profile-pictures.ts';

interface ProfilePicturesProps {
  data: PicturesData;
  /** Default: the names of the profiles. */
  names?: PictureNames | undefined;
  limitPermille?: number | null | undefined;
}

const namesOf = ({ own, other }: PicturesData): PictureNames => ({ own: own.name, other: other?.name ?? '' });

/** What a profile does, perhaps with another laid over it: two pictures in front, the others folded. */
export function ProfilePictures({ data, names = namesOf(data), limitPermille }: ProfilePicturesProps) {
  return (
    <div class="profile-pictures">
      <div class="plots-two">
        <ThrottlePicture data={data} names={names} limitPermille={limitPermille} />
        <BrakePicture data={data} names={names} />
      </div>
      <MorePictures data={data} names={names} />
    </div>
  );
}

interface MorePicturesProps {
  data: PicturesData;
  names: PictureNames;
  /** Before the picture of a trigger movement: what chooses it. */
  children?: ComponentChildren;
}

/** Pictures for those who want to know: drive per bit of trigger, and time. */
export function MorePictures({ data, names, children }: MorePicturesProps) {
  return (
    <details class="more-pictures" id="more-pictures">
      <summary>{t.more}</summary>
      <p class="field-hint">{t.moreHint}</p>
      <MorePlots data={data} names={names} />
      {children}
      <TracePicture data={data} names={names} />
    </details>
  );
}

export function MorePlots({ data, names }: Omit<MorePicturesProps, 'children'>) {
  return (
    <div id="more-plots" class="plots-two">
      <SlopePicture data={data} names={names} />
      <StepPicture data={data} names={names} />
    </div>
  );
}
