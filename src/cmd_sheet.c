/* SPDX-License-Identifier: GPL-3.0-or-later */
/* hillrow sheet: the planting sheet of a plan again. */
#include "cmd.h"

int cmd_sheet(const struct options *options)
{
    struct cmd cmd;
    hr_status status = cmd_open(&cmd, options);
    if (status == HR_OK)
        status = cmd_plan_read(&cmd, options->argument);
    if (status == HR_OK)
        status = options->output ? hr_plan_sheet(cmd.plan, options->output, cmd.diags)
                                 : cmd_print(hr_plan_sheet_text(cmd.plan));
    return cmd_close(&cmd, status);
}
