import { setTimeout as sleep } from 'node:timers/promises';
import { httpNetwork } from '../../server/cli/sensor-network.ts';
import { randomFrom } from '../../server/shared/random.ts';
import { type Network, SimulatedSensor } from '../../server/timing/simulation/sensor.ts';

/**
 * What a sensor was told, kept outside the system under test (the checking method of the Jepsen tests): numbers that were
 * answered as final, and numbers that were sent and whose fate is unknown.
 */
export class AckHistory {
  readonly acked = new Set<number>();
  readonly sent = new Set<number>();
  /** How often each status came back; 0 stands for no answer at all. */
  readonly statuses = new Map<number, number>();
  /** Instant of each answer 200, by `performance.now()`. */
  readonly ackedAtMs: number[] = [];

  /** The same network, with notes taken. */
  watch(network: Network): Network {
    return {
      askTime: () => network.askTime(),
      send: async (door, body) => {
        if (door === 'heartbeat') return network.send(door, body);
        for (const { seq } of (body as { events: { seq: number }[] }).events) this.sent.add(seq);
        const count = (status: number) => this.statuses.set(status, (this.statuses.get(status) ?? 0) + 1);
        const reply = await network.send(door, body).catch((error: unknown) => {
          count(0);
          throw error;
        });
        count(reply.status);
        if (reply.status === 200) {
          const answer = reply.body as { stored: number[]; duplicate: number[] };
          for (const seq of [...answer.stored, ...answer.duplicate]) this.acked.add(seq);
          this.ackedAtMs.push(performance.now());
        }
        return reply;
      },
    };
  }
}

/** A sensor that is triggered all the time and reports until it is told to stop; answers it loses are lost for good. */
export class LoadedSensor {
  readonly history = new AckHistory();
  readonly #sensor: SimulatedSensor;
  #over = false;
  readonly #running: Promise<unknown>;

  /** @param lost chance that an answer is lost on its way */
  constructor(url: string, token: string, everyMs: number, seed: number, lost = 0) {
    const random = randomFrom(seed);
    const nowUs = () => Math.round(performance.now() * 1000);
    this.#sensor = new SimulatedSensor({
      boot: `load${seed}`,
      bits: 64,
      nowUs,
      // Retried quickly: what is tested is the server, not the sensor's patience.
      pause: (ms) => sleep(Math.min(ms, 200)).then(() => {}),
      network: this.history.watch(httpNetwork(url, token, () => random.unit() < lost)),
      random,
    });
    const trigger = async () => {
      for (; !this.#over; await sleep(everyMs)) this.#sensor.cross(1 + (random.uint32() % 4), nowUs());
    };
    const send = async () => {
      for (; !this.#over; await sleep(20)) await this.#sensor.sendHeld();
    };
    this.#running = Promise.all([trigger(), send()]);
  }

  /** Ends in the middle of whatever is going on. */
  async stop(): Promise<AckHistory> {
    this.#over = true;
    await this.#running;
    return this.history;
  }
}
