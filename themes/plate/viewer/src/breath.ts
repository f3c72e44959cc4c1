// Long work in steps: between two of them the page answers to a hand.

export const breath = (): Promise<void> => new Promise((done) => setTimeout(done, 0));
