/** A car as far as it matters for who may drive it where. */
export type ChoosableCar = { readonly id: string; readonly classId: string | null; readonly driverId: string | null };

/** Whether a driver may take a car to a race of a class: cars of the club, or the driver's own; of that class or none. */
export function mayDrive(car: ChoosableCar, classId: string, driverId: string | null): boolean {
  return (car.classId === null || car.classId === classId) && (car.driverId === null || car.driverId === driverId);
}
