#include "math/numeric.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_roots.h>
#include <math.h>

#include "math/gsl_quiet.h"

enum { PANELS = 512, ITERATIONS_MOST = 200 };

double numeric_root(double (*f)(double x, void *context), void *context, double low, double high, double within)
{
	gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
	gsl_function function = { f, context };
	double root = NAN;

	gsl_quiet();
	if (solver && gsl_root_fsolver_set(solver, &function, low, high) == GSL_SUCCESS)
		for (int i = 0; i < ITERATIONS_MOST; i++) {
			if (gsl_root_fsolver_iterate(solver) != GSL_SUCCESS)
				break;
			root = gsl_root_fsolver_root(solver);
			if (gsl_root_test_interval(gsl_root_fsolver_x_lower(solver), gsl_root_fsolver_x_upper(solver), within, 0) ==
			    GSL_SUCCESS)
				break;
		}
	if (solver)
		gsl_root_fsolver_free(solver);
	return root;
}

double numeric_integral(double (*f)(double x, void *context), void *context, double low, double high)
{
	gsl_integration_workspace *workspace = gsl_integration_workspace_alloc(PANELS);
	gsl_function function = { f, context };
	double sum = NAN, error;

	gsl_quiet();
	if (workspace) {
		int status = gsl_integration_qag(&function, low, high, 1e-13, 1e-11, PANELS, GSL_INTEG_GAUSS31, workspace, &sum, &error);

		if (status != GSL_SUCCESS && status != GSL_EROUND)
			sum = NAN;
		gsl_integration_workspace_free(workspace);
	}
	return sum;
}

bool numeric_nodes(double low, double high, size_t n, double *x, double *weight)
{
	gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(n);

	gsl_quiet();
	if (!table)
		return false;
	for (size_t i = 0; i < n; i++)
		gsl_integration_glfixed_point(low, high, i, &x[i], &weight[i], table);
	gsl_integration_glfixed_table_free(table);
	return true;
}
