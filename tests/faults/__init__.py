"""What is killed, poisoned or cut off: nothing acknowledged is lost, nothing is there twice, the work goes on."""
